import{a as t}from"./part-I4PDLQ2S.js";var e=()=>({title:"Station",root:t("section",null,t("h1",null,"Station"))});export{e as make};
