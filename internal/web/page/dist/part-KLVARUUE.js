import{a as o}from"./part-Y3SU5E6L.js";var e=()=>({title:"Now",root:o("section",null,o("h1",null,"Now"))});export{e as make};
