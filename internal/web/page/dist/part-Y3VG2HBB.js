import{a as t}from"./part-Y3SU5E6L.js";var o=()=>({title:"Chart",root:t("section",null,t("h1",null,"Chart"))});export{o as make};
